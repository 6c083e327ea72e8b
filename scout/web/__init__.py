"""The pages: a Flask application over the use cases."""
