"""Parts of the pedigree screen: what is drawn, its painter, the view it is moved in, its words and papers."""
