"""One module for each kind of measured file that can be judged without a project; each has `answer`."""
