"""People, classes and assignments in the database: ``people.People`` on its tables."""
