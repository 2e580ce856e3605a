"""Parts of the import screen: questions, columns, rows and what each becomes."""
