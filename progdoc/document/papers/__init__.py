"""The papers themselves, one module each: program, gap report, task page, forms, annex, cards, worksheet."""
