// How much an inner corner raises the stress.
#pragma once

namespace tq::steel {

/// Stress concentration factor on the net section of a strip of `width` [m] in tension with one U-notch of
/// `depth` and root `radius` [m] in its edge. Peterson's chart 2.10 as fitted in Pilkey & Pilkey 2008 (from
/// memory) for depth/radius 0.5 to 20 and depth/width below 0.3, a semicircle by its own polynomial; sharper
/// or shallower ones by Inglis 1913, 1 + 2 sqrt(depth/radius). A deeper notch counts as 0.3 of the width,
/// which is the higher figure.
double notch_factor(double depth, double radius, double width);

} // namespace tq::steel
