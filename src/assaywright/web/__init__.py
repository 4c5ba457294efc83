"""How they say it, in a browser: pages without chemistry and without SQL of their own."""
