"""The typesetter: bidi, shaping, lines, fonts, text and tables; see DEVELOPERS.md for why it is ours."""
