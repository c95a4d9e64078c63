package oilbird.gateway.contract;

/** Which station it is. */
public record StationForm(String id, String name, String owner, String gateway) {}
