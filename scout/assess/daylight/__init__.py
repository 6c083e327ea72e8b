"""Sun and daylight at the marks and through the windows."""
