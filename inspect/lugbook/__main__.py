import sys

from lugbook.cli import main

sys.exit(main())
