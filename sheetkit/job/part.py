"""What every part of a job is."""

from pydantic import BaseModel, ConfigDict


class Part(BaseModel):
    """A part of a job: frozen, and strict about its keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", validate_default=False)
