"""The benchmark: builds collections of two sizes and measures what a keeper waits for, goal beside figure."""
