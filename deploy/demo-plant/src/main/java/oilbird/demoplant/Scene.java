package oilbird.demoplant;

/**
 * One thing that happens in the plant by script.
 *
 * @param atSeconds script time at which it happens, seconds
 * @param what what happens, in plain words
 * @param action makes it happen
 */
record Scene(int atSeconds, String what, Runnable action) {}
