"""The desk: questions answered in a browser on this machine. It knows no law; it asks what the rules ask."""
