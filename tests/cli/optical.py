#!/usr/bin/python3
"""The marks that are most easily misread, read by a machine: see
tests/long/optical.py, which reads all of them.

usage: optical.py PROGRAM
"""
import os
import sys

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "long"))
import optical  # noqa: E402: the path is set above

SAMPLE = [1, 2, 4, 6, 7, 8, 9, 10, 16, 18, 66, 68, 69, 86, 88, 89, 91, 98, 99, 106, 109, 119, 161,
          191]

if __name__ == "__main__":
    sys.exit(optical.main(SAMPLE))
