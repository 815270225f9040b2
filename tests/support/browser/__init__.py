"""Pages and screens in a real browser, and the screens' modules in Node."""
