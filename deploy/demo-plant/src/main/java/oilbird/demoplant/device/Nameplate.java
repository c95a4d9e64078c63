package oilbird.demoplant.device;

/**
 * What a monitor says about itself: the three basic objects of function 43/14.
 *
 * @param vendor object 00
 * @param product object 01
 * @param revision object 02
 */
public record Nameplate(String vendor, String product, String revision) {}
