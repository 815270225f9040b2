"""Papers as PDF: templates, data and pictures go to Typst in memory, and bytes come back."""
