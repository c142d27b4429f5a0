"""The screens: each shows what the domain computed and sends back what was clicked."""
