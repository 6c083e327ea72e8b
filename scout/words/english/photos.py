"""What is said of photos: what they do not record, what was not read, why one cannot be shown."""

MESSAGES = {
    "photo.places": "{count} places",
    "photo.too_many_places": "are more than are needed; give {most} at most",
    "photo.profile_unread": "carries a colour profile that cannot be read: its colours mean nothing here;"
    " send it as plain sRGB",
    "photo.outside_picture": "lies outside the picture; give shares of its width and height, 0 to 1",
}
