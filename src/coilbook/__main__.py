"""`python -m coilbook` is the command `coilbook`."""

from coilbook.app.command_line import main

raise SystemExit(main())
