"""The calculations: plain floats in, plain floats out. They know neither the description nor the law's text."""
