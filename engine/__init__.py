"""What is computed: prints nothing, reads no keyboard."""
