"""The floor, the lenses and the kit, as daylight and light positions both see them."""
