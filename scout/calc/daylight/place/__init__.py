"""Where and when: a zone's dates as instants, and bearings found without a compass."""
