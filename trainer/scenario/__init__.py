"""What the author wrote: strict YAML in, frozen values out."""
