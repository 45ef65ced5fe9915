"""Decision charts drawn: flowcharts for sheets, ladders for cards."""
