"""Each result as one document: blocks that every renderer draws."""
