"""Parts of the round: the walk, the strip, the animal at hand, the results, the weight."""
