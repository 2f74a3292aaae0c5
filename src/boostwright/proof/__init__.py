"""proof."""
