"""A Plan turned into drawings: the only place where plan meets drawing."""
