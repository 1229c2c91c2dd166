"""How a cutout is opened: drilled corners with straight cuts between, or a chain of holes in the waste."""
