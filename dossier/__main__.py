from dossier.cli import main

raise SystemExit(main())
