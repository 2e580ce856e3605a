"""Foreign sheets made into a reviewed plan: what the columns mean, what each row becomes, what must be asked."""
