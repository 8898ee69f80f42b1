"""``python -m kitchen_assistant``: the same as ``kitchen``."""

from . import main

if __name__ == "__main__":
    main()
