package oilbird.gateway.contract;

/** Who or what acted. */
public record ActorForm(String name, String door) {}
