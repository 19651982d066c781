"""What the head pages show: calc's answers put into words and pictures, frozen for templates."""
