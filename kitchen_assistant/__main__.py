"""``python -m kitchen_assistant``: the same as ``kitchen``."""

from kitchen_assistant import main

if __name__ == "__main__":
    main()
