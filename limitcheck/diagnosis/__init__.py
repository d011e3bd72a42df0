"""One pressure: what may cause it, where a restriction sits, and what to do about it."""
