"""One definition for each kind of record, and the situation folded from them."""
