"""What happens at the bedside: decide, advance, evolve, fold."""
