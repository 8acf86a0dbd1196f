#!/usr/bin/python3
"""Writes a made-up piece of a given size to standard output.

usage: make_piece.py SHAPE PARTS [FAULT]

fence     posts with two rails between each two of them: every bay is a loop;
          the last rail is FAULT mm too long
ring      two rows of sticks, end to end and tied at both ends: one loop of all
          parts; the last stick is FAULT mm too long
complete  every part butts on every other: nothing of the kind can stand
absurd    a fence whose rails are 99 m long
loose     a fence whose rails are nowhere said to be high or low
tolerant  a fence with tolerances, so that every bay may fail to close
"""
import sys

HEAD = ('<?xml version="1.0" encoding="UTF-8"?>\n'
        '<piece xmlns="urn:gluewright:piece:1" version="1" name="%s" units="mm">\n'
        '  <glue id="pot" kind="pva"/>\n')


def fence(parts, fault, rail=400, placed=True, tolerance=""):
    bays = max(1, (parts - 1) // 3)
    for i in range(bays + 1):
        print('  <part id="post%d" length="900" width="60" thickness="40" face="front" edge="right"%s>'
              % (i, tolerance))
        for side, there in (("left", i > 0), ("right", i < bays)):
            if there:
                print('    <mortise id="%s-top" at="%s" thickness="12" width="50" depth="26" '
                      '%s/>' % (side, side, 'from-top="40"' if placed else ''))
                print('    <mortise id="%s-low" at="%s" thickness="12" width="50" depth="26" '
                      '%s/>' % (side, side, 'from-bottom="60"' if placed else ''))
        print('  </part>')
    for i in range(bays):
        for which in ("top", "low"):
            extra = fault if i == bays - 1 and which == "low" else 0
            print('  <part id="%s%d" length="%g" width="70" thickness="30" face="front" edge="up"%s>'
                  % (which, i, rail + extra, tolerance))
            for side, post, end in (("left", i, "right"), ("right", i + 1, "left")):
                print('    <tenon at="%s" into="post%d/%s-%s" thickness="12" width="50" depth="25"/>'
                      % (side, post, end, which))
            print('  </part>')


def row(name, count, fault, at):
    for i in range(count):
        extra = fault if i == count - 1 else 0
        print('  <part id="%s%d" length="%g" width="30" thickness="20" face="front" edge="up">'
              % (name, i, 50 + extra))
        if i == 0:
            print('    <butt at="left" into="start/%s"/>' % at)
        else:
            print('    <butt at="left" into="%s%d/end"/>' % (name, i - 1))
        if i < count - 1:
            print('    <butt-face id="end" at="right" from-bottom="0" from-front="0"/>')
        else:
            print('    <butt at="right" into="stop/%s"/>' % at)
        print('  </part>')


def ring(parts, fault):
    half = (parts - 2) // 2
    for name, side in (("start", "right"), ("stop", "left")):
        print('  <part id="%s" length="200" width="20" thickness="20" face="front" edge="right">' % name)
        print('    <butt-face id="low" at="%s" from-bottom="0" from-front="0"/>' % side)
        print('    <butt-face id="high" at="%s" from-bottom="100" from-front="0"/>' % side)
        print('  </part>')
    row("a", half, 0, "low")
    row("b", parts - 2 - half, fault, "high")


def complete(parts):
    for i in range(parts):
        print('  <part id="p%d" length="100" width="30" thickness="20" face="front" edge="up">' % i)
        for j in range(i):
            print('    <butt-face id="f%d" at="right" from-bottom="0" from-front="0"/>' % j)
        for j in range(i + 1, parts):
            print('    <butt at="left" into="p%d/f%d"/>' % (j, i))
        print('  </part>')


def main():
    shape, parts = sys.argv[1], int(sys.argv[2])
    fault = float(sys.argv[3]) if len(sys.argv) > 3 else 0
    sys.stdout.write(HEAD % shape)
    if shape == "fence":
        fence(parts, fault)
    elif shape == "absurd":
        fence(parts, fault, 99000)
    elif shape == "loose":
        fence(parts, fault, placed=False)
    elif shape == "tolerant":
        fence(parts, fault, tolerance=' tolerance="0.3"')
    elif shape == "ring":
        ring(parts, fault)
    else:
        complete(parts)
    print('</piece>')


main()
