"""The invented room of `coilbook demo`: read from `demo/recipe.toml`, drawn from its seed, written as real acts."""
