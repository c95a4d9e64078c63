@NullMarked
package oilbird.mapping.draft;

import org.jspecify.annotations.NullMarked;
