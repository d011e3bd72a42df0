"""A qualification record: the installed files verified, and known answers computed again."""
