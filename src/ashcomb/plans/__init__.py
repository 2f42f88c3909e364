"""One module for each decision: a situation and a code profile in, a frozen plan with reasons out."""
