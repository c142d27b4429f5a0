"""All that is kept of people, on one database."""

from exercises.database import Database
from exercises.identity.people import People
from exercises.register.accounts import Accounts
from exercises.register.assignments import Assignments
from exercises.register.classes import Classes


class SqlPeople(Accounts, Classes, Assignments):
    """People, classes and assignments in a database."""

    def __init__(self, database: Database) -> None:
        self.database = database


def people_in(database: Database) -> People:
    """Return the people kept in a database."""
    return SqlPeople(database)
