"""Parts of the genes screen: the table, its margin, its forms, its words."""
