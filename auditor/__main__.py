"""The command `auditor`, also as `python -m auditor`."""

import gc


def main() -> None:
    """Import the command line with the collector of cycles off, and run it.

    What is imported lives to the end. Frozen, it is not looked at again, not even on the way out, which
    is an eighth of the time that the command's help takes. A worker's process imports this file alone.
    """
    gc.disable()
    from auditor.cli import main as run

    gc.freeze()
    gc.enable()
    run()


if __name__ == "__main__":
    main()
