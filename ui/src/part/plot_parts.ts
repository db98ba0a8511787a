// SPDX-License-Identifier: GPL-3.0-or-later
// What the charts need of Observable Plot, by name, so that the rest of it is left out of the page.
export { barX, dot, plot, ruleX, tickX } from '@observablehq/plot';
