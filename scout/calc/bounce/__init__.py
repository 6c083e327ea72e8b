"""What a coloured surface does to light: spectra, colorimetry, judged shifts and what mends them."""
