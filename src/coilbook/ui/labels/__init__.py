"""Parts of the labels screen: the queue, the sheet and the card in focus, painted from the layout of the PDF."""
