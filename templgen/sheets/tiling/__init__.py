"""A scene that is larger than its paper, drawn at 1:1 on tiles that are joined by registration targets."""
