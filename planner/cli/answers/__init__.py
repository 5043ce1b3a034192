"""What commands answer and write: reports, files for programs, drawings. Loaded once a call is understood."""
