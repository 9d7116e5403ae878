"""The calculations: plain floats in, plain floats out. They know no description and no law."""
