"""What the program says in English: one file a topic, a template a code."""
