// SPDX-License-Identifier: Apache-2.0
/** The language that the page speaks. */
import { type Catalogue, en } from "./en";

export const t: Catalogue = en;
