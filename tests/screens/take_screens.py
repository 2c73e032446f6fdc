"""Takes pictures of the screens: `python tests/screens/take_screens.py FOLDER`, see --help.

Decoders' processes read this module again, so it holds nothing.
"""

if __name__ == "__main__":
    from screen_looks import main

    main()
