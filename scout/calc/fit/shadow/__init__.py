"""What shows of a thing elsewhere: shadows on head and wall, images in a mirror."""
