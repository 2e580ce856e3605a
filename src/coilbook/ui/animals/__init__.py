"""Parts of the Animals screen: columns, their painter, the margin, the two forms."""
