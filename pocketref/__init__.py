"""From one structured source, the pocket cards and field sheets of an umpire association."""
