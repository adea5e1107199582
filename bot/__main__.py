"""The command line, and the only place where the parts are put together."""

from __future__ import annotations

import gc
import sys
from datetime import datetime
from typing import TYPE_CHECKING

from bot import CONTRACT, __version__

if TYPE_CHECKING:
    import argparse

    from bot.app import App


def main(arguments: list[str] | None = None) -> int:
    """Run one command; gives the exit status: 0 done, 1 faults found, 2 it could not be done (said on standard error)."""
    from bot.library import KnowledgeFaults

    given = sys.argv[1:] if arguments is None else arguments
    try:
        if len(given) == 2 and given[0] == "ask" and not given[1].startswith("-"):
            if arguments is None:  # a process of its own, over before there is much garbage
                gc.disable()
            return _answer(given[1], as_data=False)  # nothing to parse, and loading the parser takes longer than the answer
        options = _parser().parse_args(given)
        status: int = options.run(options)
        return status
    except KnowledgeFaults as faults:
        print(f"The knowledge has faults, so I do not start:\n{faults}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        return 0
    except KeyboardInterrupt:
        return 130


def _parser() -> argparse.ArgumentParser:
    import argparse
    from pathlib import Path

    parser = argparse.ArgumentParser(prog="python -m bot", description="Troubleshoots home preserves.")
    parser.add_argument("--version", action="version", version=f"lidside {__version__}, conversation contract {CONTRACT}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    chat = commands.add_parser("chat", help="talk in the terminal")
    chat.add_argument("--json", action="store_true", help="one JSON object a line in, one a line out")
    _store_option(chat)
    chat.set_defaults(run=_chat)

    ask = commands.add_parser("ask", help="one message, one reply")
    ask.add_argument("text", help="what you would type")
    ask.add_argument("--json", action="store_true", help="print the reply as one JSON object")
    ask.set_defaults(run=_ask)

    check = commands.add_parser("check", help="read all knowledge and report every fault")
    check.add_argument("folder", nargs="?", type=Path, help="the knowledge folder (default: the one in use)")
    check.set_defaults(run=_check)

    tree = commands.add_parser("tree", help="print the questions and outcomes of a problem")
    tree.add_argument("problem", help="a problem id, such as runny; 'list' names them all")
    tree.add_argument("--product", help="the kind of preserve (default: the first it happens to)")
    tree.add_argument("--dot", action="store_true", help="as Graphviz DOT text")
    tree.add_argument("--mermaid", action="store_true", help="as Mermaid text")
    tree.set_defaults(run=_tree)
    return parser


def _store_option(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--store", metavar="FILE", help="the SQLite file (':memory:' keeps nothing)")


def _app(store: str | None) -> App:
    from bot.app import App
    from bot.engine.turn import Engine
    from bot.library import load
    from bot.store import Store, default_path

    app = App(Engine(load()), Store(store or default_path()))
    gc.freeze()  # the knowledge stays for good: without this it is gone through again every few hundred messages
    return app


def _now() -> datetime:
    return datetime.now().astimezone()


def _chat(options: argparse.Namespace) -> int:
    from bot.store_file import StoreError

    try:
        return _talk(options)
    except StoreError as fault:
        print(str(fault), file=sys.stderr)
        return 2


def _talk(options: argparse.Namespace) -> int:
    app = _app(options.store)
    if options.json:
        from bot.channels import json_lines

        return json_lines.run(sys.stdin.buffer, sys.stdout.buffer, app.answer, app.tick)
    from bot.channels import terminal

    say = app.engine.text
    commands = ("help", "why", "undo", "start over", "my kitchen", "timers", "log", "forget me", "stop")
    return terminal.run(
        app.answer, app.tick, _now, sys.stdin, sys.stdout,
        greeting=say("greeting"), goodbye=say("stop"), commands=commands, running=app.running,
    )  # fmt: skip


def _ask(options: argparse.Namespace) -> int:
    return _answer(options.text, options.json)


def _answer(text: str, as_data: bool) -> int:
    from bot.engine.turn import Engine
    from bot.library import load

    engine = Engine(load())
    at = _now()
    outcome = engine.turn((), {}, text, at)
    reply = outcome.reply
    if outcome.timers or (outcome.record or {}).get("beside"):  # one message is kept nowhere
        from bot.engine.wording import aside

        reply = aside(engine.text("needs-chat"))
    if as_data:
        import json

        from bot.engine.reply import as_json

        print(json.dumps(as_json(reply, "me", at.isoformat()), ensure_ascii=False))
    else:
        print(reply.text)
    if not gc.isenabled():
        gc.freeze()  # nor is any to be looked for on the way out
    return 0


def _check(options: argparse.Namespace) -> int:
    from datetime import date

    from bot.library import check, faults_as_text, find_folder

    folder = options.folder or find_folder()
    if not folder.is_dir():
        print(f"There is no folder {folder}; name the one that holds the knowledge files.", file=sys.stderr)
        return 2
    faults, warnings = check(folder, date.today())
    if faults or warnings:
        print(faults_as_text([*faults, *warnings]))
    print(f"{len(faults)} faults, {len(warnings)} warnings")
    return 1 if faults else 0


def _tree(options: argparse.Namespace) -> int:
    from bot.engine.turn import Engine
    from bot.library import load
    from bot.tree import as_dot, as_mermaid, as_text, compile_tree

    engine = Engine(load())
    problems = engine.knowledge.problems
    if options.problem == "list":
        print("\n".join(f"{p.id:<20} {p.title}" for p in problems.values()))
        return 0
    if options.problem not in problems:
        print(f"There is no problem '{options.problem}'. Known: {', '.join(problems)}.", file=sys.stderr)
        return 2
    problem = problems[options.problem]
    if options.product and options.product not in problem.products:
        print(f"It does not happen to '{options.product}'. Products: {', '.join(problem.products)}.", file=sys.stderr)
        return 2
    tree = compile_tree(engine, problem, options.product)
    draw = as_dot if options.dot else as_mermaid if options.mermaid else as_text
    print(draw(tree))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
