"""Access openings: hole, ring, cover, screws, nutplates, rivets and what hangs on the cover, as one set."""
