"""Published tables as data files, each row with its source, turned into small frozen values."""
