"""What all commands share: the application, talk on the terminal, options, completion, interrupts."""
