package oilbird.gateway.contract;

/**
 * That a point test forces what links send of an alarm or a reading.
 *
 * @param kind {@code alarm} or {@code reading}.
 * @param point id of the alarm or the reading.
 * @param label the same for people.
 * @param forcedTo {@code active}, {@code normal} or a number.
 * @param until when it ends by itself.
 */
public record TestForm(String kind, String point, String label, String forcedTo, ActorForm by, String until) {}
