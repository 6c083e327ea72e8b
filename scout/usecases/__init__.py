"""One function for each thing a person does; what is handed out are records and plain views, never
rows.
"""
