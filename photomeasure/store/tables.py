"""The tables as the newest migration leaves them.

Times are whole microseconds since 1970, UTC. Job files and papers are kept compressed.
"""

from sqlalchemy import (
    BigInteger,
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
)

METADATA = MetaData()

MIGRATIONS = Table(
    "migrations",
    METADATA,
    Column("number", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("applied_us", BigInteger, nullable=False),
)

JOBS = Table(
    "jobs",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("title", Text, nullable=False),
    Column("title_key", Text, nullable=False),
    Column("latest", Integer, nullable=False),
    Column("created_us", BigInteger, nullable=False),
    Column("saved_us", BigInteger, nullable=False),
    Column("saved_by", Text, nullable=False),
)

REVISIONS = Table(
    "revisions",
    METADATA,
    Column("job_id", ForeignKey("jobs.id", ondelete="CASCADE"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("parent", Integer),
    Column("restored_from", Integer),
    Column("saved_us", BigInteger, nullable=False),
    Column("saved_by", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("title", Text, nullable=False),
    Column("sha256", Text, nullable=False),
    Column("document", LargeBinary, nullable=False),
)

PHOTOS = Table(
    "photos",
    METADATA,
    Column("sha256", Text, primary_key=True),
    Column("size_bytes", BigInteger, nullable=False),
    Column("format", Text, nullable=False),
    Column("width_px", Integer, nullable=False),
    Column("height_px", Integer, nullable=False),
    Column("place_kept", Integer, nullable=False),
    Column("added_us", BigInteger, nullable=False),
)

REVISION_PHOTOS = Table(
    "revision_photos",
    METADATA,
    Column("job_id", Text, primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("name", Text, primary_key=True),
    Column("sha256", ForeignKey("photos.sha256"), nullable=False, index=True),
    ForeignKeyConstraint(
        ["job_id", "number"], ["revisions.job_id", "revisions.number"], ondelete="CASCADE"
    ),
)

PAPERS = Table(
    "papers",
    METADATA,
    Column("job_id", Text, primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("kind", Text, primary_key=True),
    Column("name", Text, primary_key=True),
    Column("media_type", Text, nullable=False),
    Column("saved_us", BigInteger, nullable=False),
    Column("saved_by", Text, nullable=False),
    Column("sha256", Text, nullable=False),
    Column("content", LargeBinary, nullable=False),
    ForeignKeyConstraint(
        ["job_id", "number"], ["revisions.job_id", "revisions.number"], ondelete="CASCADE"
    ),
)

PRICE_BOOKS = Table(
    "price_books",
    METADATA,
    Column("name", Text, primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("saved_us", BigInteger, nullable=False),
    Column("saved_by", Text, nullable=False),
    Column("sha256", Text, nullable=False),
    Column("content", LargeBinary, nullable=False),
)
