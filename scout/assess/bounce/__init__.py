"""What the surfaces do to the colour and the strength of light."""
