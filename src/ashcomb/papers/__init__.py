"""Papers as PDF: fixed templates, data as JSON, black on white, A4 and US Letter."""
