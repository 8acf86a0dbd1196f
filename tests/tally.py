"""What the tests in Python share: counting what passed.  No test by itself."""
import subprocess

passed = failed = 0


def expect(truth, words):
    """Counts one thing looked at; says so when it is not as it should be."""
    global passed, failed
    if truth:
        passed += 1
    else:
        failed += 1
        print("FAILED:", words)
    return truth


def total():
    """Prints the sums; the status to leave with.  A test that looked at nothing has failed."""
    print("%d passed, %d failed" % (passed, failed))
    return 1 if failed or not passed else 0


def run(program, *options, **more):
    """Status, output and what was said, of a command that may fail."""
    more.setdefault("timeout", 120)
    done = subprocess.run([program, *options], capture_output=True, text=True, check=False, **more)
    return done.returncode, done.stdout, done.stderr
