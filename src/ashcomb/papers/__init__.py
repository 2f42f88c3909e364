"""Papers as PDF: one use case each, rendered by Typst."""
