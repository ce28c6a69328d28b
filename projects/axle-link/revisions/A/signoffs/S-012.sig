¿kM„
ÃTKJ¿B¿’:ÍS‚‚h¥QÏõKÙ0ARêº›ÌïO§tnð:~è3L-wœtQ¼3¾¶!<7;