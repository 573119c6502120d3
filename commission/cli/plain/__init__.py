"""The job as line prompts, for screen readers, pipes and slow links: the same core, no screen."""

from commission.cli.plain.home import run

__all__ = ["run"]
