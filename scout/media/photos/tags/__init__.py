"""What a camera wrote into a photo, read with distrust: exposure, time, place, bearing."""
