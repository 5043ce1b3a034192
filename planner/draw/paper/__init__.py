"""Paper: millimetres, type, boxes, cut marks, and figures as files."""
