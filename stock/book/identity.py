"""Which book it is: a name of its own that copies and backups share, and that is not its path."""

from sqlalchemy import Connection, select

from stock.book.records import METADATA


def identity(connection: Connection) -> str:
    """The identity of a book: 32 letters and digits, made with it."""
    return str(connection.execute(select(METADATA.tables["book"].c.uid)).scalar_one())
