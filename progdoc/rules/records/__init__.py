"""What was written down of people, fit tests, devices and filters, judged; and who may do which task."""
