package oilbird.alarm.composite;

/**
 * Something wrong in an expression.
 *
 * @param character where, counted from 1.
 * @param remedy what to write instead.
 */
public record Mistake(int character, String what, String remedy) {}
