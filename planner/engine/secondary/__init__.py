"""Secondary objectives, each a level solved after those before it are fixed."""
