"""Studies with outcomes made up, for the tests of what is shown of them."""

from concurrent.futures import Executor, Future

from click.testing import CliRunner

from lightoff.cli.main import lightoff
from lightoff.engine.reasoning.study.outcome import Done, Made, Outcome

FURNACE = "two-pipe-condensing"
TWO = ("--fault", "igniter.open", "--fault", "igniter.aged")


class AtOnce(Executor):
    """Works in this process, as soon as it is asked."""

    def submit(self, function, /, *arguments):  # type: ignore[override]
        future = Future()
        future.set_result(function(*arguments))
        return future


def made_up(diagnosis, task, stamp, wrong=(), checks=3):
    """An outcome without a diagnosis; it depends on the task alone."""
    right = task.faults[0] not in wrong
    return Outcome(
        task=task,
        stamp=stamp,
        needed=("replace-igniter",),
        checks=tuple(Made(f"check-{each}", "yes", 2.0, 0.5) for each in range(checks)),
        repairs=(Done("replace-igniter" if right else "clean-burners", 20.0, 95.0),),
        ended="cured",
        right_at_first=right,
        right_in_the_end=True,
        suspect=task.faults[0],
        suspect_probability=0.93,
        suspect_right=right,
        price=110.0,
    )


def run(*arguments):
    """`lightoff study` of the first furnace."""
    command = ["study", "--furnace", "two-pipe-condensing", *map(str, arguments)]
    return CliRunner().invoke(lightoff, command)


def lines(path):
    return sorted(path.read_bytes().splitlines())
