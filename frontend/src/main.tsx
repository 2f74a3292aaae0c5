import { render } from "preact";
import { takeToken } from "./lib/api";
import { startTheme } from "./lib/inks";
import { startKeys } from "./lib/keys";
import { Frame } from "./frame/frame";
import "uplot/dist/uPlot.min.css";
import "./styles/base.css";
import "./styles/frame.css";
import "./styles/controls.css";
import "./styles/plots.css";
import "./styles/decide.css";
import "./styles/print.css";

startTheme();
startKeys();
const token = takeToken();
const place = document.getElementById("screen");
if (place) render(<Frame token={token} />, place);
