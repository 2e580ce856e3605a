"""Loci, catalogue, notation, inheritance, exact pedigree inference, outlook of a pairing, kinship.

Pure: no file, no database, no clock, no rounding and no silent guess.
"""
