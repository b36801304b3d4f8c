"""What became of the places that readers' notes hang on."""
