"""Sheet nests: which pieces are cut from which sheet, where on it, and what is left."""
