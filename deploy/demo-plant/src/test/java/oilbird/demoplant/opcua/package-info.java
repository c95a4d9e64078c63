@NullMarked
package oilbird.demoplant.opcua;

import org.jspecify.annotations.NullMarked;
