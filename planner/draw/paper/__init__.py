"""Paper: millimetres, type, boxes, cut marks, and pages as files."""
