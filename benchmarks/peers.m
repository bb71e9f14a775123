% Times Octave's image package on one task and prints JSON. Usage: octave-cli peers.m task size views runs
% tasks: iradon (ramp, linear interpolation, filter included), radon. The values do not matter to the time: they are seeded noise.
pkg load image
given = argv();
task = given{1}; side = str2double(given{2}); views = str2double(given{3}); runs = str2double(given{4});
rand('seed', 1);
theta = (0:views - 1) * 180 / views;
picture = rand(side); sinogram = rand(side, views);
milliseconds = zeros(1, runs);
for run = 1:runs
  began = tic();
  if strcmp(task, 'iradon')
    iradon(sinogram, theta, 'linear', 'Ram-Lak', 1, side);
  else
    radon(picture, theta);
  end
  milliseconds(run) = 1000 * toc(began);
end
found = regexp(fileread('/proc/self/status'), 'VmHWM:\s+(\d+)', 'tokens');
peak = 'null';
if ~isempty(found), peak = sprintf('%.0f', 1024 * str2double(found{1}{1})); end
listed = sprintf('%.3f,', milliseconds);
printf('{"version":"%s","milliseconds":[%s],"peak":%s}\n', version(), listed(1:end - 1), peak);
