"""How a drawn page is laid out: its gutters, frames and panels."""
